// Not verified here: no Android SDK is on the project's machines. It packs the generated code, the
// hand-shaped layer and the native libraries that `cargo tool package android` makes into one AAR.
import org.jetbrains.kotlin.gradle.dsl.JvmTarget

plugins {
    id("com.android.library") version "8.12.0"
    id("org.jetbrains.kotlin.android") version "2.4.21"
    `maven-publish`
}

group = "dev.fallaway"
version = "0.1.0"

/** The target folder of cargo; a relative one is meant from the root of the checkout. */
val built: File = rootDir.resolve("../../..")
    .resolve(providers.environmentVariable("CARGO_TARGET_DIR").getOrElse("target"))

/** What the tool made: code under `kotlin`, libraries under `jniLibs/<ABI>`, licences under `resources`. */
val made: File = file(providers.gradleProperty("fallaway.made").getOrElse("$built/bindings/android"))

android {
    namespace = "dev.fallaway"
    compileSdk = 36

    defaultConfig {
        minSdk = 26
        ndk { abiFilters += listOf("arm64-v8a", "armeabi-v7a", "x86_64") }
        consumerProguardFiles("consumer-rules.pro")
    }

    sourceSets["main"].kotlin.srcDirs(made.resolve("kotlin"), "../src/main/kotlin", "src/main/kotlin")
    sourceSets["main"].jniLibs.srcDir(made.resolve("jniLibs"))
    sourceSets["main"].resources.srcDir(made.resolve("resources"))

    // Mapped from the APK as they are: needs the 16 KB alignment that the tool links with.
    packaging { jniLibs.useLegacyPackaging = false }

    compileOptions {
        sourceCompatibility = JavaVersion.VERSION_17
        targetCompatibility = JavaVersion.VERSION_17
    }
    publishing { singleVariant("release") { withSourcesJar() } }
}

kotlin { compilerOptions { jvmTarget = JvmTarget.JVM_17 } }

dependencies {
    // The AAR brings JNA's own native part for each ABI; the plain jar does not.
    api("net.java.dev.jna:jna:5.19.1@aar")
    api("org.jetbrains.kotlinx:kotlinx-coroutines-android:1.11.0")
}

publishing {
    publications {
        register<MavenPublication>("release") {
            artifactId = "fallaway-android"
            afterEvaluate { from(components["release"]) }
        }
    }
    repositories {
        maven(providers.gradleProperty("fallaway.packages").getOrElse("$built/bindings/packages/android"))
    }
}
